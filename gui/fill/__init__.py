"""Fill on screen: which coin goes where, with reasons, to accept whole or in part."""
