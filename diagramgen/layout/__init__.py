"""Where parts, leads and labels lie: placement, fit and routing in millimetres."""
