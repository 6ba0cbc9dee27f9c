"""Point-feature label placement: candidates, local search, leader lines."""
