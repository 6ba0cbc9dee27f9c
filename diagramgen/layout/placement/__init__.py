"""Where parts, cavities and loose components lie."""
