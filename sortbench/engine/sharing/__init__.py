"""Pooled pieces shared among lines, exactly: criteria, pieces, and the least-cost flow behind ``fill``."""
