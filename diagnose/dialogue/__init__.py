"""One turn of conversation: text in, reply out; reads no keys."""
