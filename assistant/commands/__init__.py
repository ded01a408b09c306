"""The command line: one module a family of commands, each thin over the rooms below."""
