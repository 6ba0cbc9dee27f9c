"""What the bench needs from layout and circuit: cut lengths, the lead list, its files."""
