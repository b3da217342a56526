"""The kept record: standing facts with their versions, readings, events and evidence, in SQLite or PostgreSQL."""
