"""A chat-style troubleshooting assistant for freshly built pushrod engines."""

__version__ = "0.1.0"
