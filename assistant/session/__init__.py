"""One session: where it stands, what is asked, and what each fact does to it."""
