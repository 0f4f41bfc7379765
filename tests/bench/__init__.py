"""Speed and size, measured; run one by one with `make bench`."""
