"""The job sheet: one page to lie under the car with, then the pages for the desk. Reads a verdict, computes nothing."""
