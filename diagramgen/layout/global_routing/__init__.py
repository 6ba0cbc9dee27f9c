"""Which cavities and channels a lead passes, and in what order leads leave a channel."""
