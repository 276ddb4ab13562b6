document.getElementById("late").textContent = "Everything that matters here is written by a script. ".repeat(3);
