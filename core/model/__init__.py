"""The domain: series, coins, albums, and the rules that join them."""
