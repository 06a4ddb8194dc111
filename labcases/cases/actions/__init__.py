"""What people do to a case. Each function is one transaction, guarded against a second person, and logged."""
