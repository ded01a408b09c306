"""Where records are kept: a folder, or a database that several machines share."""
