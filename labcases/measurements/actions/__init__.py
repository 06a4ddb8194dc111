"""What people do with figures: take them, correct them, prescribe, specify, finish the work they belong to."""
