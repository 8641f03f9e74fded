"""hoodside: leads one technician, alone and hands-free, through the diagnosis of an engine that will not run."""
