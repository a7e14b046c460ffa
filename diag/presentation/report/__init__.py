"""A job as something to hand over: text, Markdown, HTML with pictures, JSON, a suspect-part form."""
