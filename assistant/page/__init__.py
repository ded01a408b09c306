"""The local web page: the same session on a phone or a desktop, served from here and asking nothing outside."""
