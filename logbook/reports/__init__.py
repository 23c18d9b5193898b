"""Records to text, CSV, JSON and paper; pure, written to a given stream."""
