"""What people see: text, document, pictures. Reads a verdict, computes nothing, returns strings and bytes."""
