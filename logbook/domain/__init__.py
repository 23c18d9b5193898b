"""What is true of the things: aeroplanes, packs, flights, charges, people."""
