"""The sample book: an invented flying club on an invented island, built from the simulated world."""
