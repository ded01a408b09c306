"""What many records say together: an index that can always be made again from the journals."""
