"""The commands of the command line: one file a command, named as the command, each exporting a click `command`."""
