"""The building blocks of the screens; each shows plain values and decides nothing."""
