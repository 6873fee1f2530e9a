"""How a file is known to be our book, and in which shape it is."""

APPLICATION_ID = 0x44464C42  # "DFLB", kept in the file's header; never changes
SCHEMA_VERSION = 3  # the number of the last migration in steps/
