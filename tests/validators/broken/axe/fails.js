nobody.wrote.this();
