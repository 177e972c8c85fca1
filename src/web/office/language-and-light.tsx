import { chooseLanguage, LANGUAGE_NAMES, LANGUAGES, language } from '../language/language.ts';
import { chooseLight, LIGHTS, light } from '../look/light.ts';
import { say } from './say.ts';

/** Switches for the language of the pages and for light or dark. */
export function LanguageAndLight() {
  return (
    <div class="switches">
      <select
        aria-label={say('language')}
        value={language.value}
        onChange={(event) => {
          const chosen = LANGUAGES.find((each) => each === event.currentTarget.value);
          if (chosen) void chooseLanguage(chosen).catch(() => undefined);
        }}
      >
        {LANGUAGES.map((each) => (
          <option key={each} value={each} lang={each}>
            {LANGUAGE_NAMES[each]}
          </option>
        ))}
      </select>
      <select
        aria-label={say('light')}
        value={light.value}
        onChange={(event) => {
          const chosen = LIGHTS.find((each) => each === event.currentTarget.value);
          if (chosen) chooseLight(chosen);
        }}
      >
        {LIGHTS.map((each) => (
          <option key={each} value={each}>
            {say(`light-${each}`)}
          </option>
        ))}
      </select>
    </div>
  );
}
