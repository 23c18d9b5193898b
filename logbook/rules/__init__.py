"""The catalogue of flags: record in, flags out."""
