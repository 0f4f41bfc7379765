"""A campaign in figures."""

from PySide6.QtWidgets import QWidget


class DashboardPage(QWidget):
    """Made below."""
