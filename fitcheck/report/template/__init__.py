"""Templates in true size: to wrap round the jacket, lay on the sheet, cut from card. PDF and DXF of one drawing."""
