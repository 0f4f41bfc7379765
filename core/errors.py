"""Errors a collector can act on: each message says what is wrong, where, and what to do."""


class CollectionError(Exception):
    """Base of all errors whose text is fit to show."""


class UnknownSeries(CollectionError):
    """A series id that neither the collection nor the library knows."""


class CatalogueFault(CollectionError):
    """A series folder with faults; the message lists every one with file and line."""


class BadEntry(CollectionError):
    """What was typed cannot be read, or contradicts every issue of the series."""


class BadGrade(BadEntry):
    """A grade word or number that is not on the scale."""


class NotFound(CollectionError):
    """An album, slot or coin that is not in this collection."""


class Ambiguous(CollectionError):
    """A name or label that fits more than one thing."""


class Refused(CollectionError):
    """An order that the rules of the collection forbid."""


class FileTrouble(CollectionError):
    """A collection file that cannot be opened, read or written; its bytes are untouched."""


class InUse(FileTrouble):
    """A collection that another window or command has open for writing."""


class ReadOnly(FileTrouble):
    """A change asked of a collection that is open for reading only."""


class Cancelled(Exception):
    """A long job was cancelled by its owner; not an error to show."""
