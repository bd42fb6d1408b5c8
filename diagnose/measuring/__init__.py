"""Units and quantities, uncertainty and verdicts; knows no case and prints nothing."""
