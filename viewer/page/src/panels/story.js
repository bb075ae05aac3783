import { element } from '../elements.js';
import { Terms } from '../glossary.js';
/** @import {Panel} from '../panels.js' */

/** What the customer reads, chapter by chapter. @type {Panel} */
export const storyPanel = {
  id: 'story',
  title: 'The story',
  voices: ['customer'],
  make({ store }) {
    const { chapters, glossary } = store.page;
    const terms = new Terms(glossary);
    return {
      element: element(
        'article',
        { class: 'story' },
        ...chapters.map((chapter) =>
          element('section', {}, element('h2', {}, chapter.title), ...chapter.paragraphs.map((text) => terms.paragraph(text))),
        ),
      ),
    };
  },
};
