"""Who reaches the page: connections, limits, pairing, tokens, our own certificate."""
