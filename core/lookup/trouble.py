"""Why a series cannot read a line, and how near it came to reading it."""

from core.errors import BadEntry


class Trouble(BadEntry):
    """Why a series cannot read a line.

    `stage` says how far it came, `words` what is unknown; `neighbours` are labels of what was
    struck beside a date or letter that never was. `rest` is the message without the series'
    `title`, so that several series may say it together; `away` is how far off the nearest reading
    lies: years for a date, a share of it for a weight.
    """

    def __init__(
        self,
        stage: int,
        message: str,
        words: tuple[str, ...] = (),
        neighbours: tuple[str, ...] = (),
        title: str = "",
        away: float = 0.0,
    ) -> None:
        super().__init__(f"{title}: {message}" if title else message)
        self.stage = stage
        self.words = words
        self.neighbours = neighbours
        self.title = title
        self.rest = message
        self.away = away

    @property
    def word(self) -> str:
        """The first word that is unknown, "" where it is not the words."""
        return self.words[0] if self.words else ""
