"""Labels: which there are at each stage, and the pages that print them."""
