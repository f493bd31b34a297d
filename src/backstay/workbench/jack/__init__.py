"""The stressing page: the one that stands on a tablet beside the jack.

It goes on without a server. What is typed is kept on the tablet at once, before anything is sent,
and is sent when the server answers; what was sent twice is recorded once. The page shows what it was
sent and keeps time; every load, limit, plot and verdict comes from `backstay.stressing` and the
field records. `jack_router` gives its page, its files and its data as routes of an application,
which says where a project and its records are (`JackSite`) and who may record.
"""

from backstay.workbench.jack.routes import jack_router
from backstay.workbench.jack.site import JackSite, NoSuchProjectError

__all__ = ["JackSite", "NoSuchProjectError", "jack_router"]
