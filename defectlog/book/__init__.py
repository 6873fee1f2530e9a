"""The only room that opens the database: one SQLite file, its schema, its journal and everything asked of it."""
