"""An observation as it is taken: under what it is read, what it is held against, what a false one would cost."""
