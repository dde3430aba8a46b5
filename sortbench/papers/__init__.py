"""What the program writes for people: lists, orders and statements as text, tables and pages."""
