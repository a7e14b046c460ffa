"""The screens: they show what ``diag.session`` and the engine say, and work nothing out themselves."""
