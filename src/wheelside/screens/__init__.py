"""What a screen says, once for the command line and for pages: headings, lines, tables and findings in their order."""
