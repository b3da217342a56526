"""How the tables of a book came to be, step by step; run by Alembic."""
