"""The demo workshop: invented people, customers and jobs, one at each stage.

It is made through the same stage functions as real work, so that it shows nothing that the app
could not have done.
"""

from webapp.stages.demo.fill import fill

__all__ = ["fill"]
