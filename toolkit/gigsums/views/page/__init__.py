"""The served page: the calculators, and a gig to size, for browsers on this computer or on a network."""
