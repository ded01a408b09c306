"""What a procedure file may say, how it is read, and what can be wrong with it."""
