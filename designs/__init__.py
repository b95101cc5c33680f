"""Designs: the files, the options, the verdict, the report and the command."""
