"""Engineering calculations: numbers in, numbers out. Nothing here knows a database, a file or a clock."""
