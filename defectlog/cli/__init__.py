"""One file a verb: read what was typed, call a job, print. Everything heavy is imported when it is needed."""
