"""Every sentence the tool can say."""
