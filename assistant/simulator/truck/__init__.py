"""A truck's trailer as nodes, parts and a mechanism. It knows nothing of ``dialogs/``."""
