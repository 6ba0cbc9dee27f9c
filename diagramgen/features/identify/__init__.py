"""Which conductor of a pickup's cable is which, from what a meter says between them."""
