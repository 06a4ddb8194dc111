"""What a stage is made to, line by line: rims, custom tray, record base, and each stage's usual steps."""
