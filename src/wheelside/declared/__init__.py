"""Files of declared tables: keys declared once, read with every complaint and its line, printed as a schema and as a page."""
