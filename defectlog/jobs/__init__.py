"""One short function per job: open, gather, call the pure rooms, return a value."""
