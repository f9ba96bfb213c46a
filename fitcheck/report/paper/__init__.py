"""What all paper shares: sizes, font, pen, the stamp on every page. Millimetres from the page's lower left corner."""
