"""The trade's arithmetic and geometry: plain values in, plain values out. No framework, database or clock."""
