"""One file for each thing a person does: parse, check, flag, write, answer."""
