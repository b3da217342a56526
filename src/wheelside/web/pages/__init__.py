"""One file a group of pages: their contexts, and what answers each address."""
