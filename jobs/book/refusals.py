"""How a step says no. Pure: the words are for the person at the screen."""


class Refused(Exception):
    """A step that was not done. Its text may be shown as it is."""

    @property
    def words(self) -> str:
        return str(self.args[0]) if self.args else "That could not be done."


class Stale(Refused):
    """Someone else changed the job in the meantime (answer 409)."""


class Again(Exception):
    """A press that was made before. `made` holds what the first press made."""

    def __init__(self, made: dict[str, object]) -> None:
        super().__init__("pressed before")
        self.made = made
