"""From a bare Python 3 to a running command. Standard library only: it makes the environment."""
