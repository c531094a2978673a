"""What every page is made of: answer boxes, live figures with their foot, small widgets."""
