"""The series as data: reads them from their two files and tells every fault of a file at once."""
