// When all is known: the bar's first words, and what the address asks for.

tell(null);
if (location.hash !== "") follow();
