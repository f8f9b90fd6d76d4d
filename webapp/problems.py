"""What a person at the keyboard can put right."""


class Problem(Exception):
    """Loomwright cannot go on. The message is one plain sentence: what is wrong, and what to do."""
