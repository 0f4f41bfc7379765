"""What has to be said where the metal of coins is counted or priced. General, no legal advice."""

from core.model.issue import Series


def melting_caution(series: Series) -> str:
    """The caution for a series whose copper or silver is spoken of."""
    is_small = series.face_value_minor in (1, 5)
    if series.issuer == "United States" and series.currency == "USD":
        if is_small:
            return (
                "Melting, treating or exporting US cents and 5-cent coins is forbidden unless "
                "authorised (31 CFR 82.1)."
            )
        return (
            "The US rule against melting (31 CFR 82.1) names cents and 5-cent coins; "
            "ask before you melt any coin."
        )
    if series.issuer == "Canada":
        return "Melting or breaking current Canadian coin needs a licence (Currency Act, s. 11)."
    return "Many countries forbid melting coin; ask before you do."
