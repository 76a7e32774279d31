"""Files of a filed report: the same figures in each, from the frozen content alone."""
