"""Every series, what each rests on, and series of one's own."""
