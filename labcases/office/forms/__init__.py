"""What the office types."""
