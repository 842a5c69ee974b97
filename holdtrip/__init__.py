"""Command line and local web page: the only room that prints, logs and serves."""
