"""Every sentence about a rule, by family; the only place with sentences beside the pages of ``report/``."""
