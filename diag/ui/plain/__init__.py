"""The whole job line by line: question, answer, next question. No cursor movement, no colour, nothing redrawn.

Made for screen readers, slow links and pipes, with the same abilities as the screens. The way in is
``diag.ui.plain.conversation.Conversation``.
"""
