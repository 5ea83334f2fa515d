"""Which tests stay together on one worker when the suite runs side by side.

pytest-xdist's own groups are of no effect on pytest 9.2: its 3.8 writes them into a name that nobody reads any more.
"""

from xdist.scheduler import LoadScopeScheduling

# one browser at a time, one filled sample shop, one real shop with its processes; being large, they are begun first
TOGETHER = ("tests/browser/", "tests/demo/", "tests/starting/")


class Together(LoadScopeScheduling):
    """Gives whole folders to one worker, and every other test to whoever is free."""

    def _split_scope(self, nodeid: str) -> str:
        return next((folder for folder in TOGETHER if nodeid.startswith(folder)), nodeid)
