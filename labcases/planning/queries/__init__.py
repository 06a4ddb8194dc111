"""What pages and actions read about days, times, load and proposals."""
