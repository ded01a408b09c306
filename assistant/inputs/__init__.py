"""Where answers come from."""
