"""The one door that web and command line share: loads, calls a stage, appends; supplies time and person."""
