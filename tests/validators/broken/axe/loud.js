console.error("something went wrong");
