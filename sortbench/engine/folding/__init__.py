"""Folds of many records: packed, unpacked, and asked without unpacking them."""
