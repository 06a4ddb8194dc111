"""What a stage is made to, line by line: rims, custom tray, record base, and the usual steps of each stage."""
