"""What people do to days, times and plans. Each function is one transaction, guarded against a second person."""
