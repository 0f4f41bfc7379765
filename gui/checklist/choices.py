"""How a checklist is to be printed, as chosen in its dialog and kept in the settings."""

from dataclasses import dataclass

from core.app.checklists import ListGroup
from core.printing.checklist import DEFAULT_COLUMNS, ListColumn, Look, Paper

_LARGE = "large print"
_PLAIN = Look()


@dataclass(frozen=True, slots=True)
class Choices:
    """Groups, columns and size of type; the paper is None as long as none was chosen."""

    group: ListGroup = ListGroup.LEAF
    paper: Paper | None = None
    look: Look = _PLAIN

    @property
    def text(self) -> str:
        """As the settings keep it: “decade; a5; large print; held, price”."""
        columns = ", ".join(self.look.columns)
        size = _LARGE if self.look.is_large else ""
        return "; ".join((self.group, self.paper or "", size, columns))


def read_choices(text: str) -> Choices:
    """What the settings keep; anything that makes no sense is the usual."""
    parts = [part.strip() for part in text.split(";")]
    if len(parts) != 4:
        return Choices()
    group, paper, size, columns = parts
    names = [name.strip() for name in columns.split(",") if name.strip()]
    is_known = all(name in list(ListColumn) for name in names)
    return Choices(
        ListGroup(group) if group in list(ListGroup) else ListGroup.LEAF,
        Paper(paper) if paper in list(Paper) else None,
        Look(
            tuple(c for c in ListColumn if c in names) if is_known else DEFAULT_COLUMNS,
            size == _LARGE,
        ),
    )
