"""Papers: from records to what is printed, and the pages that offer them."""
