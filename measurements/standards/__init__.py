"""Test standards as far as they are known: numbers in, numbers out, no database. What is recalled rather than read says so."""
