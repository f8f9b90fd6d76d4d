"""What a workshop may do and when. The only code that writes records."""
