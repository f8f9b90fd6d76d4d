"""From needs to a whole loom: source, protection, control, load, return.

`propose` (in propose.py) is the only entry. A proposal is a design like any other: everything in it
can be edited, and what cannot be done is named rather than guessed.
"""

from webapp.stages.design.proposal.propose import Proposal, propose

__all__ = ["Proposal", "propose"]
