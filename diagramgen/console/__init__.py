"""What commands share: arguments, completion, how results are said."""
